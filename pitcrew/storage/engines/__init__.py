"""The engines of the logbook, a file each. A new file here is a new engine: its `ENGINE` says how
its log is opened. `--store NAME://WHERE` names it; nothing else does.

`storage/opening.py` imports an engine when its name is asked for, and none unasked.
"""
