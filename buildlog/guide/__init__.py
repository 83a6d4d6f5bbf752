"""The guide's generated pages: every key of every record, and every command."""
