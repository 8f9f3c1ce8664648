"""The one front door of the engine for screens and the command line."""
