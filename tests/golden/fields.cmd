fields
