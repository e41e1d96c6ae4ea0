"""How strength and nearness to a brief go over the hours on a strip."""
