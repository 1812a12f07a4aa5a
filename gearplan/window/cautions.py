"""The cautions shown wherever gearing is chosen or fitted, in our own words."""

TEXT = """\
The maker's manual and the machine's service data come first; this program only computes.

Fitting is work for a qualified technician: bike on a stand, wheel secured, hands clear of chain and sprockets, \
eyes and hands protected when a chain is cut or riveted.

Close the chain with a riveted link where its maker asks for one. Replace single-use nuts and links.

Check the slack at the tightest point after the axle is torqued, and again after the first ride. Pump the brake \
up before the bike moves.

Other gearing can make the speedometer wrong and can touch type approval, insurance and the rules on noise and \
emissions: check local law. Parts made for the track stay on the track.

Speeds are computed possibilities, not advice: obey limits.
"""
