"""Pictures and tables of one answer."""
