"""The bench day: a rig, a plan, what was recorded, what it says, and where a joint serves."""
