"""Lines, words and fonts in millimetres. It knows no paper, no file format and no instrument."""
