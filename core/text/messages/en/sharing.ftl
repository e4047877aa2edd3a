### When devices meet, and what a device tells by itself.

aside = { $why ->
    [invitation] the invitation of its author has not arrived
    [missing] changes that it builds on have not arrived
    [newer] it needs a newer version of Fallaway
    [reader] its author may only read
    [removed] it arrived only after its author had lost the right to write
    [fork] its device was copied: the copy has written another change in its place
    [behind] it builds on a change that is held back
   *[rule] it breaks a rule of the record
}
not_kept = { $count ->
    [one] one change was
   *[other] { $count } changes were
  } not kept: more than { $most } of one person would wait beside this record; first import the bundles they wait for, then these again
stranger = it is signed by the device { $device }, which is not a member of this record
has_all = has everything that is here
has_until = has everything up to { $until }; { $not_known ->
    [one] one change is
   *[other] { $not_known } changes are
  } not known to be there
has_unknown = nothing is known of what it has
second_use = { $who } ({ $fingerprint }) came with the invitation that { $used_by } had used, and is not let in. If you know that device, invite it anew; if not, somebody else has seen the words: invite nobody else with them.
not_let_in = This device is not let in: { $used_by } had used the invitation before. Ask { $invited_by } for another one and accept it here; nothing is lost.
newer_kind = it is of kind { $kind }, which a newer version writes; import it again after an update
people_founded = { $who } began this record
people_added = { $who } added { $whom } as { $role ->
    [owner] an owner
    [contributor] a contributor
   *[viewer] a viewer
  }
people_invited = { $who } invited { $own_device ->
    [yes] another device of the same person as { $role ->
        [contributor] a contributor
       *[viewer] a viewer
      }
   *[no] { $role ->
        [contributor] a contributor
       *[viewer] a viewer
      }
  }
people_withdrew = { $who } withdrew an invitation
people_joined = { $who } joined as { $role ->
    [contributor] a contributor
   *[viewer] a viewer
  }, invited by { $invited_by }
people_gave_role = { $who } made { $whom } { $role ->
    [owner] an owner
    [contributor] a contributor
   *[viewer] a viewer
  }
people_removed = { $who } removed { $whom }
people_removed_since = { $who } removed { $whom }: { $reason }
people_left = { $who } left
people_took_in = { $who } accepted what was held back
people_renewed_words = { $who } made new recovery words
people_by_words = somebody with the recovery words
people_device_of = { $device } ({ $person })
needs_version = the record asks for version { $version } of its format; a newer version of Fallaway can write it
version_asked = { $who } asks for version { $version } of the record's format; a newer version of Fallaway can write it, and an owner can write anyway

notice_newer = The store was written by a newer version of Fallaway (schema { $found }; this one writes { $supported }): it can be read, not changed.
notice_damage = A damaged part was set aside: { $part } ({ $name }). The rest is in use; import a bundle to get the missing part back.
damaged_part = { $part ->
    [file] the database file, or pages of it
    [snapshot] the newest snapshot of a record
    [change] a change
    [signature] a signature
    [draft] a line that was not yet a change
    [member] a membership
    [epoch_key] a key of a record
    [writer] the numbering of a writer
    [projection] a prepared view
    [outgoing] a bundle on its way out
    [meta] a note of the store
    [record] a record
    [last_writes] the list of last writes
    [photo] a part of a photo
   *[newer] something a newer version wrote
}
notice_keys_gone = This device's keys are gone, so it has a new identity: records can be read, and an owner has to invite it again before it can share them.
notice_other_keys = The keys here are not those of the device that wrote this store. Put its own keys back; until then records can be read, and an owner has to invite this device before it can share them.
notice_keys_damaged = A part of this device's keys is damaged: it goes on as a new writer, and takes back what is missing when it meets the others.
notice_records_gone = This device has written records before, and the store no longer has them. Put its file back, or have an owner invite this device again: it goes on as a new writer, and takes back what is missing when it meets the others.
notice_restored = The store was restored from a copy: this device goes on as a new writer, and takes back what is missing when it meets the others.
notice_copied = A second device is writing as this one: it was copied, or a backup of it is in use. This device goes on as a new writer and has written its own entries again; remove the other one.
notice_new_writer = A bundle brought work of this device that its store did not have: it goes on as a new writer.
secret = { $name ->
    [device_seed] the device's own key: { $reason }
    [incarnation] the device's mark: { $reason }
   *[sealed] the device's count of changes: { $reason }
}
secret_size = { $found } bytes instead of { $expected }
