"""Was it noticed, by how many, how far apart, and how many people does the question take?"""
