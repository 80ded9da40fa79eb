"""What misreading costs this shop: how often a sign is met, how far misread, what that moves."""
