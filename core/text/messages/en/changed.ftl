### What changed between two visits.
nothing = Nothing can be compared yet.
postures = Measured { $before } before and { $after } after: relief differs with posture, so such readings are not compared.
neck = the neck
twist = the twist of the neck
joint = the neck joint
saddle = the saddle of string { $string }
nut = the nut slot of string { $string }
nuts = the nut slots of { $strings }
saddles = the saddles of { $strings }
heights = the mean height of all strings
of_neck = relief in the middle of the board
of_twist = relief on the bass side minus that on the treble side
of_joint = height at the saddles from the tilt of the neck
of_saddle = height of the string at the saddle
of_nut = height of the string at the nut
of_heights = mean height of the strings at the saddles
no_change = These readings show no change beyond reading error.
# What most likely happened, the surest first.
likely = By these readings: { $list }.
likely_moved = { $part } moved, by about { $by } ({ $odds } to 1)
likely_most = most likely { $part } moved, by about { $by } ({ $odds } to 1)
likely_most_against = most likely { $part } moved, by about { $by } ({ $odds } to 1 against a misreading of { $reading })
likely_again = To settle it, measure once more: { $of }.
likely_other_tool = To settle it, measure with a finer tool (once more with the same one rounds to the same mark): { $of }.
likely_agree = The earlier readings cannot be taken again: if it plays as it should, take today's numbers as the new ones.
# $part: "the neck"; $of: "relief in the middle of the board"
moved = { $part } moved: { $of } changed by { $value } ({ $low } to { $high }), by the readings before and after and the model of the neck.
still = { $part }: no change beyond reading error ({ $of }: { $low } to { $high }), by the readings before and after and the model of the neck.
still_likely = { $part }: perhaps { $by }, but these tools cannot tell that from no change ({ $of }: { $low } to { $high }), by the readings before and after and the model of the neck.
still_unbounded = { $part }: no change beyond reading error, by the readings before and after and the model of the neck ({ $of }).
unclear = { $part }: these readings cannot tell whether it moved ({ $of }: { $low } to { $high }).
# $parts: "the saddles of strings 1 (G), 2 (D)"; the widest of their numbers
still_several = { $parts }: no change beyond reading error ({ $of }: { $low } to { $high } at most), by the readings before and after and the model of the neck.
unclear_several = { $parts }: these readings cannot tell whether they moved ({ $of }: { $low } to { $high } at most).
# What no reading tells of: "the twist of the neck, the neck joint".
open = These readings do not tell whether anything changed here: { $list }.
to_settle = To find out, measure { $of }.
once_more = Measure it once more.
earlier = It is from an earlier visit and cannot be taken again: measure today's with a second tool, and take that as the new number.
doubtful = { $part }: either it moved or one reading is wrong, by the readings of this visit and those around it ({ $of }). The reading in doubt: { $reading }.
doubtful_several = { $parts }: either they moved or one reading is wrong, by the readings of this visit and those around it. The reading in doubt: { $reading }.
rests_on_one = This rests on one reading; measure once more before you act on it: { $reading }.
slot_rose = A slot does not rise by itself: look at fret 1 for wear.
noted = Noted in between: { $list }.
common = By the readings, all strings moved by the same amount: look at the neck joint, the bridge or its posts.
contradict = These readings contradict each other or the rest, so less is concluded from them. Take them again.
# Targets that somebody typed in: the instrument may never have stood there.
wishes = Compared with the targets that were entered (only an earlier visit can show what moved):
wish_above = { $of }: read { $reading }, { $by } above the target of { $target }.
wish_below = { $of }: read { $reading }, { $by } below the target of { $target }.
wish_open = { $of }: read { $reading }; that cannot tell whether it meets the target of { $target }.
wish_met = On target: { $list }.
wish_within = On target within reading error: { $list }.
left_aside = { $count ->
    [one] One more reading was
   *[other] { $count } more readings were
  } left out: where one thing was measured several times on one occasion, the one that counts and the latest others are used, four at most.
readers_unknown = { $first } measured before, { $second } after: how far apart these two read is not known, so up to { $within } is allowed for it (common practice, no source).
readers = { $first } measured before, { $second } after: { $second } reads { $estimate } compared with { $first }, learned from { $count ->
    [one] one comparison
   *[other] { $count } comparisons
  } of other readings, and this is allowed for.
