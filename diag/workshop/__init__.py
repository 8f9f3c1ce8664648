"""Sums that a bench needs: belts, speed and mains, capacitors, torque, level.

Each is declared once as data (`declaration.Sum`), knows no face, and every face is made from that.
Of the model this package knows quantities only, and nearest words.
"""
