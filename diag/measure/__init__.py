"""From samples to speed, flutter, azimuth, response, level, noise, hum, distortion and dropouts.

Functions take a `sound.Sound` and numbers with the unit in the name, and return a
`result.Measurement`, or raise a MeasureError that says what was found and what to do.
"""
