"""Arrays of outlines -> arrays of numbers; knows nothing of files or paste."""
