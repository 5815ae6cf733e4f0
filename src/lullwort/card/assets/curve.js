// Reads values off the curve, and shows a part of it larger.
