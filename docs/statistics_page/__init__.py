"""What the statistics page measures: simulated runs of known truth, with and without each step of the method."""
