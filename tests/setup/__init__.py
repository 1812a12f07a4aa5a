"""Tests of the room `setup`."""
