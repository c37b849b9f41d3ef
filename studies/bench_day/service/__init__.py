"""What everyday uses ask of a corner."""
