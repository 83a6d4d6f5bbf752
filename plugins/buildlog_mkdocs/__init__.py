"""The MkDocs side: thin adaptors without domain logic."""
