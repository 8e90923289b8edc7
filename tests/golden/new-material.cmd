new --material canvas,pigskin-lining=tongue-lining
