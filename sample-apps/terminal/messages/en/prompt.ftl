# The prompt at the bench.

begin = Short words, the next step after each line; ? lists them, Ctrl-Z takes back, q leaves.
enter_does = Enter alone: done as proposed.
enter_shows = Enter alone: show the next step.
words =
    Measured
      5 5 5 6          what the next step asks for
      a 5 5 5 6        action        r 12   relief      n 8 8 9 9   nut
      i 0 2 -1 3       intonation    f 0 0 -2 0  pitch  s 19 19 19  spacing
      pickup 3 3.5 mm  pickup        = as before  - not measured
    Done
      d                as proposed; d ccw where it may go either way
      t                tuned
      rod 1/8 cw       saddle 4 down 1/4 ccw       pickup 1 bass up 1/2 cw
      nut 4 filed      air 21C 45%                 remark "..."
      u                take back what was written last (Ctrl-Z)
    Look
      p  plan          c  card       h  this visit      Enter  the next step
    Visit
      add bass-4 "name"    on "name"        tool rule 1/64
      w action all 5/64    a target         b "why"  begin     e  end
      l                    as left: all that still holds
      enter                Enter alone means: done as proposed
      q                    leave
    Every other command works as it does in a shell, without "fallaway".
