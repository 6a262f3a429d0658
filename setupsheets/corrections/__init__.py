"""From readings of a test piece to causes and advice: pure numbers, lengths in mm.

causes, observations           what may be off, and what is read of it with which instrument
kalman, filtering, hypotheses  the pieces through a filter, and which jumps explain them
belief                         what that says of every cause: the first module to read
prediction, search, advice     how parts would come out, and the moves that are worth most
preposterior, limiting         what another reading is worth, and what no reading can cure
stopping                       what to do next: `recommend`, which the records call
explain                        the accounts of the readings, for whoever wants to know why
shown                          what scatters by the readings, and what did not follow a move
offsets, first_blanks          what set-ups teach of machines; how long to leave blanks
normal, mixture                numbers of the normal distribution, and mixtures of it
"""
