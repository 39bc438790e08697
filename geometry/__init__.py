"""Where the frets are, what each string does when it is pressed, and where the bridge must stand.

Pure numbers: arrays in, arrays out. Nothing here reads a file, draws a line or depends on paper. Lengths are millimetres,
forces newtons, pitches hertz and errors cents; each name says which.
"""
