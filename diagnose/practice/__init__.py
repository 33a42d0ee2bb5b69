"""Practice: a case is told, the learner looks for facts that cost minutes, and names a cause.

`worked_exercises` tells the cases of a folder, `invented` makes fresh ones from the rulebook;
`play` is the game without a screen, `feedback` what is said afterwards, `paths` an efficient way
to the cause, `calibration` and `record` keep how well confidence and results agree; `table` is the
screen.
"""
