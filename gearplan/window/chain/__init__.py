"""The Chain page: the run to scale, its charts, the wear log, another chain size."""
