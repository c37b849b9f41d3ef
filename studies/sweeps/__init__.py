"""Questions asked of many corners at once: sweeps over keys, what moves the answer, what would be enough."""
