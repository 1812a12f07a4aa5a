"""Measuring the swingarm from a photograph: points are set here, the photo room tells what follows from them."""
