new --material suede-split=vamp-suede | sed 's/material: upper-leather/material: vamp-suede/' | $program check - --factory harbour
