"""Words of the pump only: cam, readings, their doubt, causes, correction, cut-out, quantity, mistakes. Plain numbers in
and out.

Everywhere: crank angle in degrees after the unit's own top dead centre in ahead rotation, negative before; lifts in
millimetres from the base circle; `_u` and `u_` are standard uncertainties.
"""
