"""An animal as it is typed: which one is meant, its chip's number, its birth, its photograph."""
