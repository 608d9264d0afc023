"""What length goes back: stock lengths, solid and blind, and the shop heads they make."""
