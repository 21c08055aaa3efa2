"""What people hold: the plan on paper, the strip to wear, the calendar, the safety page.

`write.pack_files` makes the files of a cleared plan in memory, `write.safety_file` the safety page alone,
which may always be handed out and cannot see a plan; `place` puts files into a folder, all or none.

The parts: `voice` has the words, `letters` the fonts, `strip` (with `flags`, `rows`, `rulers`, `scale`) the
geometry of the course strip, `svg` the one writer for it, `sheet` and `wrist` the data of the two printed
sheets, `typeset` the way to Typst, `templates/` what the pages look like. A shape has a role and no colour;
what a role looks like stands in `svg` alone.
"""
