### What is said of a meeting of two devices.

no_digits = “{ $text }” is not six digits
digits_accepted = the six digits that the other device shows
in_a_meeting = another meeting about this instrument is under way; try again when it is over

up_to_date = “{ $name }”: { $with } and this device have the same now
instrument = “{ $name }”: { $what }
sent = { $count ->
    [one] 1 change sent
   *[other] { $count } changes sent
  }
received = { $count ->
    [one] 1 bundle received
   *[other] { $count } bundles received
  }
photos_sent = { $count ->
    [one] 1 photo sent
   *[other] { $count } photos sent
  }
photos_received = { $count ->
    [one] 1 photo received
   *[other] { $count } photos received
  }

all = both devices have the same now
apart = no instrument is shared by both devices, or the digits are not those that the other one shows
removed = this device was removed from the instrument's people; what it has stays readable here
peer_removed = the other device was removed from the instrument's people; it was told so, and given nothing
unknown = the other device does not know this one as one of the instrument's people; meet whoever invited it first
peer_unknown = the other device is not one of the instrument's people by what is known here; it was given nothing
not_taken = what was sent could not be kept on one of the two devices; nothing that was there is lost
stopped = stopped; what has come is kept, and the next meeting goes on from there
failed = { $why ->
    [cut] the connection broke off
    [slow] the other device did not answer in time
    [too_much] the other device sent more than one meeting takes
   *[garbage] what answered is not a meeting, or was altered on its way
  }; what has come is kept, and the next meeting goes on from there
