"""Pictures of how to measure, not to scale: what the page shows beside a field."""
