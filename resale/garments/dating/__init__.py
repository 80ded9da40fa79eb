"""How old a thing is: what zip, label, care marks and origin say, as years with reasons."""
