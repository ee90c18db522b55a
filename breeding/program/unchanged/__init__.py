"""What has not been written since it was read is not asked of the database again.

Every table has a mark, which triggers in the database renew with every write, whoever writes
(`triggers.py`). A request that only reads reads all marks once (`marks.py`); a question whose
tables have the marks they had when it was last answered is answered from memory (`compiler.py`,
`rows.py`), and so is what was reckoned from such answers (`reckoning.py` sees what it reads):
while none of its tables is written to (`values.py`), while what is written does not matter to it
(`growing.py`), of each of many by itself (`each.py`), or as records (`records.py`). What was
written since is told by `come.py` and `changes.py`. Nothing is read from memory, nor kept, inside
a transaction: rows there may be taken back.
"""
