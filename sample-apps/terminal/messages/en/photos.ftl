# Photos.

added = photo added; what its file said of place, time and camera was taken out
none = No photos yet: fallaway photo add FILE
head = photo | day | who | size | where | of | what it shows
written = Written to { $file }, { $size }.
