"""Looking ahead: the next years played many times."""
