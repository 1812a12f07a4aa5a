"""Exact factors from shown units to SI, by definition."""

from __future__ import annotations

import math

KMH = 1000 / 3600  # m/s in one km/h
MPH = 1609.344 / 3600  # m/s in one mile an hour; international yard and pound agreement, 1959
RPM = math.tau / 60  # rad/s in one turn a minute
MM = 1e-3  # m in one mm
INCH = 25.4e-3  # m in one inch; the same agreement
DEGREE = math.pi / 180  # rad in one degree
