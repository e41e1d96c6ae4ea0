"""How a session is served: drawn orders and codes, dips, how a set is smelt, what is asked."""
