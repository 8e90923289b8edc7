new --material canvass
