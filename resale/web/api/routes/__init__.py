"""The addresses of the API, by what they are about."""
