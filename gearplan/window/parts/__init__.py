"""The parts list, shared by the job and its quote."""
