### The numbers card.
title = { $name }
title_setup = { $name }, setup “{ $setup }”
nothing = Nothing has been measured yet.
column_where = where
column_read = read
column_target = target
target = target { $target }
last_read = Last measured { $when }.
read_earlier = Not measured since { $day }: { $quantities }.
above = above target
below = below target
unclear = cannot tell: measure again
