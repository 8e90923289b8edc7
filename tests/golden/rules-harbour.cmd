rules --factory harbour
