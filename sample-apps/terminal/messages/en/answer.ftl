# What stands around an answer.
rests_on = Rests on:
assumed = Assumed:
caution = Caution:
numbered = { $number }. { $what }
item = - { $what }
