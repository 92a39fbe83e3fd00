"""The pack "parcel": whether a finished machine can be sent by post."""
