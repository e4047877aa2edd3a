/// The app's own texts: each is a text of this name in the string catalogue.
public enum Say: String, CaseIterable, Sendable {
  case a4
  case aBuzz = "a_buzz"
  case aSlip = "a_slip"
  case above
  case add
  case addInstrument = "add_instrument"
  case addPhoto = "add_photo"
  case addSetup = "add_setup"
  case afterThat = "after_that"
  case allSent = "all_sent"
  case anEighthLess = "an_eighth_less"
  case anEighthMore = "an_eighth_more"
  case andAHalf = "and_a_half"
  case anticlockwise
  case anyNumber = "any_number"
  case asFiles = "as_files"
  case asFound = "as_found"
  case asItIs = "as_it_is"
  case asLeft = "as_left"
  case asRead = "as_read"
  case asThePhone = "as_the_phone"
  case bFlat = "b_flat"
  case bNatural = "b_natural"
  case because
  case before
  case below
  case belowZero = "below_zero"
  case bothAreKept = "both_are_kept"
  case bridgeFixed = "bridge_fixed"
  case bridgeOnPosts = "bridge_on_posts"
  case bringBack = "bring_back"
  case buzzes
  case caption
  case chooseFile = "choose_file"
  case chosen
  case clearance
  case climate
  case clockwise
  case clockwiseLess = "clockwise_less"
  case clockwiseMore = "clockwise_more"
  case close
  case codeForCamera = "code_for_camera"
  case compareAbout = "compare_about"
  case compared
  case contributor
  case correctIt = "correct_it"
  case couldNot = "could_not"
  case crossOut = "cross_out"
  case crossedOut = "crossed_out"
  case date
  case decimalMark = "decimal_mark"
  case didAsSaid = "did_as_said"
  case didOtherwise = "did_otherwise"
  case digitsToType = "digits_to_type"
  case doesNotTurn = "does_not_turn"
  case doesNothing = "does_nothing"
  case drawRelief = "draw_relief"
  case dueSince = "due_since"
  case empty
  case everything
  case exchangeNow = "exchange_now"
  case exchanging
  case factA4 = "fact_a4"
  case factAbout = "fact_about"
  case factAttached = "fact_attached"
  case factBridge = "fact_bridge"
  case factBridgeSpread = "fact_bridge_spread"
  case factClawKey = "fact_claw_key"
  case factClawThread = "fact_claw_thread"
  case factCrown = "fact_crown"
  case factFrets = "fact_frets"
  case factHand = "fact_hand"
  case factIntonation = "fact_intonation"
  case factIntonationKey = "fact_intonation_key"
  case factIntonationThread = "fact_intonation_thread"
  case factJoint = "fact_joint"
  case factNeck = "fact_neck"
  case factNote = "fact_note"
  case factNut = "fact_nut"
  case factNutSpread = "fact_nut_spread"
  case factPickupKey = "fact_pickup_key"
  case factPickupThread = "fact_pickup_thread"
  case factPickups = "fact_pickups"
  case factPostKey = "fact_post_key"
  case factPostThread = "fact_post_thread"
  case factRadius = "fact_radius"
  case factRadiusEnd = "fact_radius_end"
  case factRod = "fact_rod"
  case factRodKey = "fact_rod_key"
  case factSaddleKey = "fact_saddle_key"
  case factSaddleThread = "fact_saddle_thread"
  case factScale = "fact_scale"
  case factScaleLow = "fact_scale_low"
  case factSprings = "fact_springs"
  case factTrees = "fact_trees"
  case facts
  case factsAbout = "facts_about"
  case factsSave = "facts_save"
  case fetchPhoto = "fetch_photo"
  case fileIsHere = "file_is_here"
  case floats
  case forARepairer = "for_a_repairer"
  case fractions
  case from
  case fromFret = "from_fret"
  case gaugeOf = "gauge_of"
  case gaugeUnknown = "gauge_unknown"
  case gaugesAbout = "gauges_about"
  case hasJoined = "has_joined"
  case headless
  case heardOf = "heard_of"
  case history
  case hoursThere = "hours_there"
  case howHard = "how_hard"
  case humidity
  case inch
  case instruments
  case intonationEachSaddle = "intonation_each_saddle"
  case intonationFixed = "intonation_fixed"
  case intonationSharedSaddles = "intonation_shared_saddles"
  case intonationWholeBridge = "intonation_whole_bridge"
  case invitationAbout = "invitation_about"
  case invitationReady = "invitation_ready"
  case inviteOwn = "invite_own"
  case inviteToRead = "invite_to_read"
  case inviteToWrite = "invite_to_write"
  case invitedTo = "invited_to"
  case isClean = "is_clean"
  case itIsRight = "it_is_right"
  case itIsTheSame = "it_is_the_same"
  case itIsTuned = "it_is_tuned"
  case itsName = "its_name"
  case join
  case joinAbout = "join_about"
  case joinInstrument = "join_instrument"
  case keepAwake = "keep_awake"
  case keepThis = "keep_this"
  case keptAside = "kept_aside"
  case keptAsideAbout = "kept_aside_about"
  case language
  case lastEntry = "last_entry"
  case leaveRelay = "leave_relay"
  case leftHanded = "left_handed"
  case letSettle = "let_settle"
  case lockOrientation = "lock_orientation"
  case looksUnusual = "looks_unusual"
  case lowFirst = "low_first"
  case marks
  case measureAgain = "measure_again"
  case meetNow = "meet_now"
  case meeting
  case meetingAbout = "meeting_about"
  case mergedInto = "merged_into"
  case millimetres
  case more
  case neckBolted = "neck_bolted"
  case neckGlued = "neck_glued"
  case neckThrough = "neck_through"
  case newSet = "new_set"
  case newSetup = "new_setup"
  case newStrings = "new_strings"
  case newerRole = "newer_role"
  case nextString = "next_string"
  case noInstrument = "no_instrument"
  case noNumbers = "no_numbers"
  case noPhotosYet = "no_photos_yet"
  case noRecovery = "no_recovery"
  case noRoom = "no_room"
  case noSetupYet = "no_setup_yet"
  case noTool = "no_tool"
  case noToolHere = "no_tool_here"
  case nobodyCame = "nobody_came"
  case noneFound = "none_found"
  case notCompared = "not_compared"
  case notHereYet = "not_here_yet"
  case notRead = "not_read"
  case notReadNow = "not_read_now"
  case notUnderstood = "not_understood"
  case note
  case noteBuzz = "note_buzz"
  case noteClimate = "note_climate"
  case noted
  case notedAt = "noted_at"
  case nothingNew = "nothing_new"
  case nothingToDo = "nothing_to_do"
  case nothingToSettle = "nothing_to_settle"
  case nothingYet = "nothing_yet"
  case numbers
  case nutCompensated = "nut_compensated"
  case nutLocking = "nut_locking"
  case nutRoller = "nut_roller"
  case nutSlotted = "nut_slotted"
  case nutZeroFret = "nut_zero_fret"
  case off
  case on
  case onStage = "on_stage"
  case onTarget = "on_target"
  case onTargetAsRead = "on_target_as_read"
  case open
  case orderReversed = "order_reversed"
  case orderUsual = "order_usual"
  case otherReading = "other_reading"
  case otherTarget = "other_target"
  case outOfDate = "out_of_date"
  case ownWords = "own_words"
  case owner
  case people
  case photo
  case photoIsElsewhere = "photo_is_elsewhere"
  case photos
  case pickups
  case plan
  case read
  case readNow = "read_now"
  case readStandsThere = "read_stands_there"
  case readTitle = "read_title"
  case readsOnly = "reads_only"
  case readsOnlyAbout = "reads_only_about"
  case readings
  case receive
  case received
  case recoveryAbout = "recovery_about"
  case recoveryWords = "recovery_words"
  case relayAddress = "relay_address"
  case relief
  case remark
  case remarks
  case remove
  case removeAbout = "remove_about"
  case removeNow = "remove_now"
  case rename
  case rightHanded = "right_handed"
  case rodAtHead = "rod_at_head"
  case rodAtHeel = "rod_at_heel"
  case rodNone = "rod_none"
  case rodOneWay = "rod_one_way"
  case rodTwoWay = "rod_two_way"
  case saddlesHigher = "saddles_higher"
  case saddlesOneScrew = "saddles_one_screw"
  case saddlesTwoScrews = "saddles_two_screws"
  case sameAsBefore = "same_as_before"
  case saveTargets = "save_targets"
  case saved
  case scan
  case search
  case seeWhichWay = "see_which_way"
  case sendAbout = "send_about"
  case sendAll = "send_all"
  case sendAndReceive = "send_and_receive"
  case sendNew = "send_new"
  case sendTheFile = "send_the_file"
  case sendTheSheet = "send_the_sheet"
  case setTargets = "set_targets"
  case settings
  case settle
  case settled
  case setupNamed = "setup_named"
  case setups
  case sheet
  case sheetForBench = "sheet_for_bench"
  case sheetForOwner = "sheet_for_owner"
  case showDigits = "show_digits"
  case showOlder = "show_older"
  case sideways
  case stage
  case standsOnPosts = "stands_on_posts"
  case stopWaiting = "stop_waiting"
  case stoppedOver = "stopped_over"
  case stringTuned = "string_tuned"
  case strings
  case stringsCaution = "strings_caution"
  case stringsChanged = "strings_changed"
  case stringsNamed = "strings_named"
  case stringsNoted = "strings_noted"
  case takeBack = "take_back"
  case takeIn = "take_in"
  case takeToday = "take_today"
  case taken
  case tapToSettle = "tap_to_settle"
  case target
  case targetOf = "target_of"
  case targetsSaved = "targets_saved"
  case temperature
  case textSize = "text_size"
  case theDigits = "the_digits"
  case theReading = "the_reading"
  case theWords = "the_words"
  case thenReads = "then_reads"
  case thisDevice = "this_device"
  case thisDeviceIsIt = "this_device_is_it"
  case thousandths
  case tightest
  case toFret = "to_fret"
  case tool
  case turnedBy = "turned_by"
  case twoTargets = "two_targets"
  case twoTargetsShort = "two_targets_short"
  case twoValuesOf = "two_values_of"
  case twoValuesTitle = "two_values_title"
  case typedNow = "typed_now"
  case undo
  case undoLast = "undo_last"
  case units
  case useRelay = "use_relay"
  case usedUntilSettled = "used_until_settled"
  case validUntil = "valid_until"
  case version
  case viewer
  case waitUntil = "wait_until"
  case waitingForPhone = "waiting_for_phone"
  case whatChanged = "what_changed"
  case whereItBuzzes = "where_it_buzzes"
  case whereKept = "where_kept"
  case whichWay = "which_way"
  case whoAndWhen = "who_and_when"
  case whoHasWhat = "who_has_what"
  case why
  case within
  case work
  case writeItDown = "write_it_down"
  case written
  case writtenDown = "written_down"
  case writtenThen = "written_then"
}

/// Texts that depend on a number: each varies by plural in the catalogue.
public enum Count: String, CaseIterable, Sendable {
  case aside
  case entries
  case openWork = "open_work"
  case saveReadings = "save_readings"
  case twoValues = "two_values"
  case unsent
  case values
  case waiting
}

/// The app's own texts, in the language that is chosen. What is advised comes from the core, in the same language.
@MainActor
public protocol Texts {
  /// A text, with what belongs into it.
  func text(_ say: Say, _ with: [String]) -> String

  /// A text that depends on a number, which is its first part.
  func count(_ say: Count, _ number: Int) -> String
}

extension String {
  /// The text with its parts: `%1$@` is the first of them.
  public func filled(_ with: [String]) -> String {
    var text = self
    for (at, part) in with.enumerated() {
      text = text.replacing("%\(at + 1)$@", with: part)
    }
    return text
  }
}
