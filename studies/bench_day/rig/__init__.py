"""From the weight stacked on a bench rig to the force on the joint."""
