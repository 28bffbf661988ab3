"""Rule sets as data: read with places, checked, frozen. No code and no expression strings in them."""
