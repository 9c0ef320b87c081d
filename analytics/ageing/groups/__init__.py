"""Groups that lives belong to: factors on life, shrunk towards none, and lots that stand out."""
