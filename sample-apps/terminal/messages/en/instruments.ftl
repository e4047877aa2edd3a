# Instruments, their facts, their history, and what this device is called.
head_templates = template | kind | starts with
templates_hint = Add one: fallaway add TEMPLATE NAME; then correct what differs: fallaway set
added = Added “{ $name }”. Its facts: fallaway show
added_as = Others will see this device as “{ $label }”.
no_instruments = No instrument yet. Begin with `fallaway templates` and `fallaway add TEMPLATE NAME`.
none_archived = Nothing has been put away on this device.
renamed = “{ $name }” is called “{ $new_name }” now.
archived = “{ $name }” is put away: it is not in the list of this device any more. To bring it back: fallaway archive --back “{ $name }”
brought_back = “{ $name }” is in the list again.
head_list = instrument | last entry | to look at
list_next = next: { $step }
list_drafted = open draft
list_unsent = { $count } unsent
list_contested = { $count ->
    [one] two values in one place
   *[other] two values in { $count } places
  }
list_waiting = { $count ->
    [one] one change waiting for something that has not arrived
   *[other] { $count } changes waiting for something that has not arrived
  }
list_aside = { $count ->
    [one] one change kept aside: fallaway held
   *[other] { $count } changes kept aside: fallaway held
  }
list_unnamed = (nothing has arrived yet)
two_values_hint = { $places }: fallaway two-values
newer_facts = { $count ->
    [one] and one fact written by a newer version
   *[other] and { $count } facts written by a newer version
  }
read_only = Read only: { $reason }
visit_open = A visit is open: { $purpose }
state = State of the record: { $state }
me = Others see this device as “{ $label }”.
fingerprint = Fingerprint of its key: { $fingerprint }
me_wrong = a name has 1 to 40 characters: “tech”, “player”
forget_ask = This deletes “{ $name }” and its whole history from this device. What nobody else has is lost; other people's devices keep theirs.
forget_wrong = there is no “{ $name }” here; to forget an instrument, give its name in full
forgotten = “{ $name }” is deleted from this device.

head_facts = fact | example | what it is
unset = { $fact }: not known any more
joint_why = The ± is not about that fret: the neck stops bending before the body, about at fret { $stops } ± { $by }, depending on its heel. If you know where: fallaway set joint "{ $stops } ± 0"
set = { $fact }: { $value }

no_entries = No such entry yet.
crossed_out_because = crossed out ({ $reason }): { $what }
replaced = replaced by a later remark: { $what }
taken_back = Taken back: { $what }
made_again = Entered again: { $what }
reason_missing = say why: fallaway cross-out ENTRY "reason"
crossed_out = Crossed out ({ $reason }): { $what }
erased = Taken back, nobody had seen it yet: { $what }
copied = “{ $new_name }” has the facts and targets of “{ $name }”; its history begins now.
none_called = No instrument has “{ $text }” in its name. To search everything that was written: fallaway search “{ $text }”
