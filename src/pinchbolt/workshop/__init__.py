"""Use cases: one file, one act, one transaction each; the only code that joins engines with records.

A door (screen, paper, JSON, command line) calls these with who (`by`, a person's id), the time (`now`) and, where something is
written, a `key` that makes a repeated request the same act.
"""
