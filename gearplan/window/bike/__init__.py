"""The Bike page: the profile as a form, whose bike it is, gearbox, how a field is measured."""
