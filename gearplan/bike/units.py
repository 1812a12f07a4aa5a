"""Exact factors from shown units to SI, by definition."""

from __future__ import annotations

import math

KMH = 1000 / 3600  # m/s in one km/h
MPH = 1609.344 / 3600  # m/s in one mile an hour; international yard and pound agreement, 1959
RPM = math.tau / 60  # rad/s in one turn a minute
MM = 1e-3  # m in one mm
INCH = 25.4e-3  # m in one inch; the same agreement
DEGREE = math.pi / 180  # rad in one degree
POUND = 0.45359237  # kg in one pound; the same agreement
STANDARD_GRAVITY = 9.80665  # m/s²; 3rd General Conference on Weights and Measures, 1901
KGF = STANDARD_GRAVITY  # N in one kilogram-force, and N·m in one kgf·m
LBF_FOOT = POUND * STANDARD_GRAVITY * 0.3048  # N·m in one pound-force foot
PS = 75 * STANDARD_GRAVITY  # W in one metric horsepower, 75 kgf·m/s
HP = 550 * LBF_FOOT  # W in one horsepower, 550 lbf·ft/s
