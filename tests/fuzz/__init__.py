"""Random input for everything that reads, random corners for everything that predicts."""
