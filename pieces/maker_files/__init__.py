"""Pages: a maker's own file is looked at and taken in, the catalogue is handed out, prices are looked back on."""
