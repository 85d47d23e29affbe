"""microclimate"""
