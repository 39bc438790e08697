"""Paper, rulers, title block, and long drawings in tiles. It knows no instrument."""
