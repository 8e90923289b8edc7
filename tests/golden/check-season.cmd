check styles/*.yaml --factory harbour,loft
