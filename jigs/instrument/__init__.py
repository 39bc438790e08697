"""The instrument file: its keys, its checks, its presets."""
