# What to type next.
two_values = See them and choose: fallaway two-values
set_target = Set one, for example: fallaway setup target { $setup } { $example }
keep_readings = Or, to keep today's readings as targets: fallaway setup take { $setup }
tuned = Then enter it: fallaway tuned
targets_here = For example: w relief 0.25 mm, then w action all 5/64 (or: targets usual)
as_left = Enter the final numbers with --as-left.
which_way = If you can see which way the saddle goes when its screw is turned, set it: fallaway set saddle-clockwise more (or less)
toward = Toward “{ $setup }” (another: fallaway plan --setup NAME)
all_steps = Every step in full: fallaway plan --all
other_steps = The other steps
photos = { $count ->
    [one] 1 photo: fallaway photo
   *[other] { $count } photos: fallaway photo
}
all_numbers = All numbers: fallaway card
caution = Caution:
