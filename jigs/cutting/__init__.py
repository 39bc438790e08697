"""Parts to cut from stock: windows, kerf, engraved letters, nests, and the cutter itself."""
