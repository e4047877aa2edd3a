### What is said of an exchange with a relay.

no_address = “{ $url }” cannot be the address of a relay
address = an address such as https://relay.example, of at most 200 characters
address_secure = an address that begins with https:// (http:// only for a relay on this machine)

up_to_date = everything is exchanged
no_news = nothing new
relay_full = the relay has no room left: what others sent is here, and what this device has stays here
stopped = stopped; what has come is kept, and the next exchange goes on from there
later = { $why ->
    [offline] the relay cannot be reached
    [slow] the relay did not answer in time
    [untrusted] the relay's certificate is not accepted
    [garbage] what answered at this address is not a relay, or the answer was damaged on its way
    [full] the relay has no room left
   *[busy] the relay is busy
  }; nothing is lost, the next try { $seconds ->
    [0] can be made at once
    [one] in 1 second
   *[other] in { $seconds } seconds
  }
blocked = { $why ->
    [no_access] the relay does not accept this device's keys; get a bundle file from somebody who shares the record
    [no_key] the record goes on under a key that this device was not given: it was removed, or the key has not arrived yet
    [knocked] the relay has been told that this device wants to join; whoever shares the record lets it in with the next exchange
    [not_yet] the relay has nothing of this record that this device can read yet; whoever shares it brings that with the next exchange
    [deleted] the record was deleted from the relay; set a relay again
    [admission] the relay asks for an admission code before it takes a new record
   *[no_room] there is no room left on this device; nothing that has arrived was lost
  }
rebuilt = the relay had lost what it had, or had gone back to an older state; it was filled again from this device
doubted = the relay does not show this device what it showed { $device } on { $at }: it has lost that, or keeps it back; meet { $device }, or exchange a bundle file
set_aside = { $count ->
    [one] 1 bundle is not accepted by the relay; it is kept here and leaves by file
   *[other] { $count } bundles are not accepted by the relay; they are kept here and leave by file
  }
sent = { $count ->
    [one] 1 bundle sent
   *[other] { $count } bundles sent
  }
received = { $count ->
    [one] 1 bundle received
   *[other] { $count } bundles received
  }
waits = { $count ->
    [0] nothing waits to be sent
    [one] 1 change waits to be sent
   *[other] { $count } changes wait to be sent
  }
