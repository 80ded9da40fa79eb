"""Items as they were saved: the list, the page of one, its photos, its like, its replay."""
