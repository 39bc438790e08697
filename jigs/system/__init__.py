"""Files written whole, locks, processes, the user's folder."""
