package fallaway.app.android

import android.content.Context
import android.net.nsd.NsdManager
import android.net.nsd.NsdServiceInfo
import fallaway.SocketStream
import fallaway.app.Connection
import fallaway.app.Nearby
import java.io.IOException
import java.net.InetSocketAddress
import java.net.ServerSocket
import java.net.Socket
import java.util.concurrent.CompletableFuture
import java.util.concurrent.TimeUnit
import java.util.concurrent.TimeoutException

/**
 * Finds another phone in the same network: the digits are the name of a service (Android reference, `NsdManager`; DNS-SD,
 * RFC 6763). What is found there was not run on a phone.
 */
class NetworkNearby(private val context: Context) : Nearby {
    @Volatile
    private var end: (() -> Unit)? = null

    private val services get() = context.getSystemService(NsdManager::class.java)

    override fun listen(digits: String): Connection? = ServerSocket(0).use { here ->
        here.soTimeout = PATIENCE_MS
        end = { here.close() }
        val told = Told()
        val service = NsdServiceInfo().apply {
            serviceName = digits
            serviceType = TYPE
            port = here.localPort
        }
        services.registerService(service, NsdManager.PROTOCOL_DNS_SD, told)
        try {
            connected(here.accept())
        } catch (_: IOException) {
            null
        } finally {
            end = null
            services.unregisterService(told)
        }
    }

    override fun find(digits: String): Connection? {
        val there = CompletableFuture<NsdServiceInfo?>()
        end = { there.complete(null) }
        val search = Search(digits, there)
        services.discoverServices(TYPE, NsdManager.PROTOCOL_DNS_SD, search)
        return try {
            there.get(PATIENCE_MS.toLong(), TimeUnit.MILLISECONDS)?.let { found ->
                @Suppress("DEPRECATION")
                val address = InetSocketAddress(found.host, found.port)
                connected(Socket().apply { connect(address, CONNECT_MS) })
            }
        } catch (_: TimeoutException) {
            null
        } catch (_: IOException) {
            null
        } finally {
            end = null
            services.stopServiceDiscovery(search)
        }
    }

    override fun stop() {
        end?.invoke()
    }

    private fun connected(socket: Socket) = Connection(SocketStream(socket)) { socket.close() }

    private class Told : NsdManager.RegistrationListener {
        override fun onServiceRegistered(service: NsdServiceInfo?) = Unit

        override fun onRegistrationFailed(service: NsdServiceInfo?, code: Int) = Unit

        override fun onServiceUnregistered(service: NsdServiceInfo?) = Unit

        override fun onUnregistrationFailed(service: NsdServiceInfo?, code: Int) = Unit
    }

    private inner class Search(private val digits: String, private val there: CompletableFuture<NsdServiceInfo?>) :
        NsdManager.DiscoveryListener {
        override fun onServiceFound(found: NsdServiceInfo) {
            if (found.serviceName != digits) return
            val resolved = object : NsdManager.ResolveListener {
                override fun onServiceResolved(service: NsdServiceInfo) {
                    there.complete(service)
                }

                override fun onResolveFailed(service: NsdServiceInfo?, code: Int) = Unit
            }
            @Suppress("DEPRECATION")
            services.resolveService(found, resolved)
        }

        override fun onStartDiscoveryFailed(type: String?, code: Int) {
            there.complete(null)
        }

        override fun onServiceLost(lost: NsdServiceInfo?) = Unit

        override fun onDiscoveryStarted(type: String?) = Unit

        override fun onDiscoveryStopped(type: String?) = Unit

        override fun onStopDiscoveryFailed(type: String?, code: Int) = Unit
    }

    private companion object {
        const val TYPE = "_fallaway._tcp"

        /** Longer than this nobody waits in a room. */
        const val PATIENCE_MS = 120_000
        const val CONNECT_MS = 10_000
    }
}
