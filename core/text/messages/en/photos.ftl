### Photos.

empty = the file is empty
too_large = the file is larger than 16 MiB
other_kind = the file is neither a JPEG nor a PNG
broken = the file breaks off or is damaged
accepted = a JPEG or PNG file of up to 16 MiB
all_full = the photos of this instrument already take up 256 MiB
all_accepted = photos of 256 MiB in all: a smaller one, or one less
altered = the photo is not the one that its line names: whoever wrote the line attached another
too_many_points = the photo claims more pixels than any camera has; it was not opened
decoded_accepted = a photo of up to 64 million pixels, 16,384 on a side
thumbnail_side = the longer side of a small picture cannot be { $points } pixels

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
