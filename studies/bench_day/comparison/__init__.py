"""What was broken beside what was predicted."""
