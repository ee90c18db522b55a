"""How contacts, wishes, reservations and hand-overs are put right, withdrawn and brought back."""
