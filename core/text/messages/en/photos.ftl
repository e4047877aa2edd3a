### Photos.

empty = the file is empty
too_large = the file is larger than 16 MiB
other_kind = the file is neither a JPEG nor a PNG
broken = the file breaks off or is damaged
accepted = a JPEG or PNG file of up to 16 MiB
all_full = the photos of this instrument have 256 MiB
all_accepted = photos of 256 MiB together: a smaller one, or one less
altered = the photo is not the one that its line names: whoever wrote the line sealed another
too_many_points = the photo says that it is larger than any camera makes one; it was not opened
decoded_accepted = a photo of up to 64 million points, 16,384 at a side
thumbnail_side = { $points } points cannot be the longer side of a small picture

state = { $state ->
    [here] here
   *[missing] not here yet
}
sent = { $count ->
    [one] 1 photo sent
   *[other] { $count } photos sent
}
waiting = { $count ->
    [one] 1 photo waits to be sent
   *[other] { $count } photos wait to be sent
}
fetched = { $fetched ->
    [here] the photo is here
    [not_there] the relay does not have the photo yet: it comes with the next exchange of a device that has it
    [altered] the relay gave something else than this photo; nothing of it was kept
    [no_relay] the record has no relay to fetch the photo from
   *[later] the relay cannot be reached now; try again later
}
