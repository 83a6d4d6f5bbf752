"""Pages: what each page says, and the templates that say it."""
