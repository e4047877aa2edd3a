# Setups: targets.
taken = Today's readings are the targets of “{ $name }”:
none = No setup yet. When the numbers are right: fallaway setup take NAME. Or set one target: fallaway setup target NAME relief 0.25 mm
none_deleted = No setup was deleted.
renamed = Setup “{ $setup }” is called “{ $name }” now.
deleted = Setup “{ $setup }” is deleted with its targets. To bring it back: fallaway undo, or later fallaway setup back “{ $setup }”
brought_back = Setup “{ $setup }” is back.
unknown = there is no setup “{ $name }”; here: { $known }
none_yet = none yet
head = | where | target | tolerance | 
two_values = two values
set = “{ $setup }”: { $what }, target { $target }
set_within = “{ $setup }”: { $what }, target { $target } ± { $within }
dropped = “{ $setup }” has no target for { $what } any more.
nothing_to_drop = “{ $setup }” has no target for { $what }
value_missing = which strings, then the value: fallaway setup target stage action 4 2.1 mm
strings_missing = which strings? Accepted: 4, 1,3, 2-5, all
