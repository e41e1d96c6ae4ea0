"""How far each log had come when somebody was told so, kept beside the notebook: a lost end is noticed by it."""
