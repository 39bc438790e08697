"""One page on the user's own computer, for people who open no terminal: fill in, look, print.

The browser sends what was filled in; `answers` turns it into an instrument file's text and that into drawings, through the
same functions as the command line. The page computes nothing.
"""
