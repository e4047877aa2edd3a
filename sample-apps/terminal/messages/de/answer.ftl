# Was um eine Antwort herum steht.
rests_on = Grundlage:
assumed = Angenommen:
caution = Vorsicht:
numbered = { $number }. { $what }
item = - { $what }
