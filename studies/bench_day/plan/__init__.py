"""A bench day planned: how many of each joint, in which steps and order, from which boards."""
