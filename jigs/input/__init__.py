"""What a user wrote, read and checked: text, tables, rows, quantities."""
