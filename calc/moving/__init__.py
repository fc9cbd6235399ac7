"""The moving model: an invented valve-controlled pump for teaching, and what its dial gauges show.

Every number is invented and round, and no maker's geometry is behind it. All quantities are whole numbers of small
steps, so that a browser that adds the same whole numbers shows the same digits: `cam` is the plunger's lift, `pump` the
valves, gauges and events, `controls` what a reader can move and how it is said.
"""
