"""Single controls: fields, ranges of teeth, ticks, lists of words."""
