"""What has not been written since it was read is not asked of the database again.

Every table has a mark, which triggers in the database renew with every write, whoever writes
(`triggers.py`). A request that only reads reads all marks once (`marks.py`); a question whose
tables have the marks they had when it was last answered is answered from memory (`compiler.py`,
`rows.py`), and so is what was reckoned from such answers (`values.py`). Nothing is read from
memory, nor kept, inside a transaction: rows there may be taken back.
"""
