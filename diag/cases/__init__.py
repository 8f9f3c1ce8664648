"""Cases: what happened to each deck on the bench, kept so that nothing told is ever lost.

`events` are the kinds of things that happen, `fold` makes the state of a case from them, `codec`
writes and reads them as JSON, `store` keeps them in SQLite and `case_file` carries them elsewhere.
"""
