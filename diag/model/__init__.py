"""Frozen values that the rest of the engine passes around. No I/O.

The dataclasses here are also the format of the knowledge files: `diag.reading` builds them from
YAML by their type hints, and the JSON Schema for editors is generated from the same hints.
"""
