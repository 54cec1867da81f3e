"""What a shop is told of the parts: how each piece is cut, bent, welded, and what is bought for it."""
