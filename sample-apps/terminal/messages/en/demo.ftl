# The story of the demo, in its order, and what stands around it.
october = Monday in October, at the bench
take_in = The tech takes in a five-string bass. String height is measured with a steel rule in 64ths of an inch, relief with feeler gauges; the first value is the highest string.
wishes = What the player likes:
first_eighth = The rod first, and only an eighth: nobody knows yet which way this one works. If in doubt, loosen first.
rod_known = Clockwise reduces relief: now the record knows. On with quarters.
relief_there = The relief is right. The action was measured before the rod was turned, so it is out of date:
saddle_way = One look at a saddle shows which way its screws work: clockwise raises it.
final_numbers = The final numbers are measured with a dial gauge, because the next visit is compared with them. They become the targets.
invitation = The player is invited: twelve words by one way, a bundle file by another. Which ways does not matter.
friday = Friday night, both offline
backstage = Backstage the player looks at the numbers, notes a buzz, and wants the lowest string higher.
same_evening = The same evening the tech, who knows nothing of this, has the bass back on the bench for an hour and lowers that very string.
saturday = Saturday, the bundles cross
second_first = The player's second file arrives before the first. It holds everything that tech may be missing; the first then brings nothing new.
two_values = Both have set a different target for the same string. Both values are kept, and the plan does not choose. After a word on the phone the player settles it.
up_again = So the string goes up again. = means “the same as before”.
january = January, a dry winter
heating = The heating has been on for weeks. Nobody has touched a screw, but every string is higher.
one_nut = Five strings too high, and one nut to turn.
untouched = The action is back where it was left, with every saddle untouched.

differ = the two records differ: the tech's state is { $tech }, the player's { $player }
same = Both devices hold the same record: state { $state } on both sides.
go_on = Go on from here, for example:
your_own = Your own instrument: { $program } --help
not_from_demo = { $path } holds something that is not from a demo; name another folder with --into
marker = This folder was made by `fallaway demo`, which may replace it.
stopped = the story stops: `fallaway { $command }` ended with exit code { $code }
no_state = { $device }'s record shows no state: { $why }
