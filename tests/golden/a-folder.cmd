check styles/
