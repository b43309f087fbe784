# The configuration and the control protocol under arbitrary bytes.
if(STILLPOINT_FUZZ OR STILLPOINT_TESTS)
  stillpoint_fuzz(config NEEDS config)
  stillpoint_fuzz(rpc NEEDS wire)
endif()
