# People, invitations, bundles, conflicting values.
head_people = device | may | fingerprint | 
head_known = device | last heard of | what it has
head_people_history = when | what
never_heard = -
known_hint = A device is known to have what it has built on, and what it had when it met this one.
this_device = this device
role = { $role ->
    [owner] owner
    [contributor] contributor
   *[viewer] viewer
  }
fingerprint_compared = compared
not_compared = not compared
now_compared = { $fingerprint } is shown as compared from now on.
invited = The words of the invitation are in { $file }. It works once, for { $days ->
    [one] one day
   *[other] { $days } days
  }.
invited_words = Read the words out, or show the second line as a code. They work once, for { $days ->
    [one] one day
   *[other] { $days } days
  }.
invited_next = Hand over the words by one way and a bundle file by another: fallaway bundle out FILE. Whoever has both can join and read the whole history; the words alone open nothing.
invited_welcome = Hand over the words by one way and { $file } by another. Whoever has both can join and read the whole history; the words alone open nothing.
written_down = The recovery words are no longer on this device.
no_recovery_words = This device has no recovery words of the instrument: they are written down, or another device made them.
recovery_hint = Write these twelve words down on paper, then: fallaway recovery-words --written-down. If every device is lost, they and a bundle file make a new one an owner. Whoever has them is above every owner.
recovered = “{ $name }” is here, and this device is an owner. The old recovery words no longer work; the new ones:
recovered_next = Send a bundle to the others, so that they know: fallaway bundle out FILE
nobody_asks = Nobody's device asks for a newer version: the record can be written.
written_anyway = The demand for a newer version is set aside: this version writes the record again. What a newer version wrote stays. Send a bundle, so that the others can write too.
removed = Removed { $fingerprint }: what is written from now on is sealed under a new key. Send a bundle to the others, so that they know too.
left = You have left. What is here stays until `fallaway forget`; send a bundle, so that the others know.
withdrawn = Invitation { $invitation } lets nobody in any more. Send a bundle, so that the others know.
no_invitations = No open invitations.
head_invitations = invitation | may | by | until
nothing_held = Nothing is held back.
held = { $device } ({ $fingerprint }): { $entries ->
    [one] one entry
   *[other] { $entries } entries
  }, { $values ->
    [one] one value
   *[other] { $values } values
  }: { $why }
held_hint = An owner accepts it with `fallaway accept-held DEVICE`; else it stays beside the record.
held_ask = Two devices write under the name of { $device }. What you accept replaces what the other one wrote, until that device reads a bundle of yours and writes it again. If both devices are in use, do nothing: each of them does this by itself.
role_given = { $fingerprint } may from now on: { $role }. Send a bundle, so that the others know.
not_words = these are not words: the file is not text
invitation = “{ $name }”: you may join as { $role } until { $expires }.
compare = Compare with the screen of whoever invited you (fallaway people): { $inviter }
joined = Joined “{ $name }” as { $role }.
joined_next = Send a bundle file of yours back, so that they know this device: fallaway bundle out FILE
joined_sync = A relay carries this record: fallaway sync. Sync again once one of them has synced: then the whole history is here.
whole_record = The whole record is in { $file } ({ $size }), sealed for the people of this instrument.
what_is_new = What somebody may not have yet is in { $file } ({ $size }), sealed for the people of this instrument.
bytes = { $count } bytes
kilobytes = { $count } kB
some_refused = { $file }: { $count ->
    [one] one of its bundles was refused; the others were imported
   *[other] { $count } of its bundles were refused; the others were imported
  }
of_file = { $file }: { $why }
too_large = { $file } has { $bytes } bytes; accepted: up to { $most }
merged = Merged into “{ $name }”
person_joined = { $person } has joined
from = from { $by }: { $what }
values = { $count ->
    [one] 1 value
   *[other] { $count } values
  }
crossed_out = { $count } crossed out
nothing_new = nothing new
unnamed = Merged; the instrument's name has not arrived yet
waiting_of = { $count ->
    [one] one change waits for what { $whose } wrote earlier
   *[other] { $count } changes wait for what { $whose } wrote earlier
  }
waiting_unknown = { $count ->
    [one] one change waits: it is not known here yet who wrote it
   *[other] { $count } changes wait: it is not known here yet who wrote them
  }
waiting_ask = { $what }. Nothing is lost. Ask { $whom } for the whole record: fallaway bundle out FILE
nothing_arrived = The instrument itself has not arrived yet. Ask whoever invited you for the whole record: fallaway bundle out FILE
waiting_ask_anybody = { $what }. Nothing is lost. Ask whoever invited you for the whole record: fallaway bundle out FILE
copied = { $device } was copied: two devices write under its name. What one of them wrote is kept beside the record until it writes it again; remove the one that should not exist.
set_aside = kept aside, not counted: { $reason }
refused = refused { $bundle }: { $reason }
conflict = two values, { $field }: { $values }
value_by = { $value } ({ $by })
both_kept = Both are kept until somebody chooses: fallaway two-values
no_conflict = No conflicting values.
place = { $number }  { $field }
meanwhile = used until settled
settle_hint = Choose: fallaway settle PLACE VALUE, for example: fallaway settle 1 2
nothing_to_settle = nothing has two values
no_place = there is no place { $place }; accepted: { $accepted }
no_value = { $field } has no value { $value }; accepted: 1 to { $count }
settled = Settled: { $field }: { $value } ({ $by }).
no_relay = No relay carries this instrument: devices exchange bundle files. To name one: fallaway relay set ADDRESS
relay = Relay { $address }: { $waits }
not_exchanged = { $why } ({ $waits })
so_far = { $done } of { $total } { $total ->
    [one] bundle
   *[other] bundles
  }
no_certificate = { $file } holds no certificate; accepted: a file that begins with -----BEGIN CERTIFICATE-----
no_admission_code = { $file } holds no admission code; accepted: one word of letters, digits and signs, without accents or spaces
nothing_unsent = Nothing new, and nobody else shares the instrument yet.
nothing_unsent_for = Nothing new for { $names }: everything here is known to be there.
meet_how = one device listens: fallaway meet --listen; the other one goes there: fallaway meet ADDRESS --code DIGITS
listening = Waiting for the other device, in the same network. Type there:
cannot_listen = cannot listen at { $address }: { $reason }
cannot_reach = { $address } does not answer: { $reason }
somebody_else = Somebody came: { $why }. Still waiting.
too_many_knocks = nobody came who knows the digits; start again for new ones: fallaway meet --listen
code_of = Code { $number } of { $count }
codes_next = The first code is the words, the others are the welcome. Who has seen all of them joins; the history comes with a bundle, by the relay, or by meeting.
no_code = this is too much for a code
