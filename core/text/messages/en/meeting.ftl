### What is said of a meeting of two devices.

no_digits = “{ $text }” is not six digits
digits_accepted = the six digits that the other device shows
in_a_meeting = another meeting about this instrument is under way; try again when it is over

up_to_date = “{ $name }”: { $with } and this device have the same now
instrument = “{ $name }”: { $what }
sent = { $count ->
    [one] 1 piece of news went over
   *[other] { $count } pieces of news went over
  }
received = { $count ->
    [one] 1 bundle came
   *[other] { $count } bundles came
  }
photos_sent = { $count ->
    [one] 1 photo went over
   *[other] { $count } photos went over
  }
photos_received = { $count ->
    [one] 1 photo came
   *[other] { $count } photos came
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
   *[garbage] what answered is no meeting, or was altered on its way
  }; what has come is kept, and the next meeting goes on from there
